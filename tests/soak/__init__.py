"""Weeks of many people through engine and store, with everything going wrong that can."""
