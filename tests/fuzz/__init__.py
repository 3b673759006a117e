"""Attacks by made-up inputs: ``python -m tests.fuzz`` (see ``__main__.py``)."""
