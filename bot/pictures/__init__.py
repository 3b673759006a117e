"""Pictures for a phone: one maker each, all in the look that `look.py` defines."""
