"""A bench for the messenger: a Bot API server that is not ours, a proxy that makes faults, and invented people."""
