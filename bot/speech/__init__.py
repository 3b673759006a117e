"""Hearing voice notes and answering aloud, on this machine and without any account."""
