"""Everything that touches the world: terminal, store, clock, entry point."""
