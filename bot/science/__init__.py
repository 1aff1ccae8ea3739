"""Quantities to a worked answer. Pure; plain floats carry their unit in the name, pint stays in topics.py."""
