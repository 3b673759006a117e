"""The brew session: state, events, and the one pure step from a message to an outcome."""
