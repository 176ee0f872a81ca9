"""Prisms to blocks and their skins; the only user of the boolean kernel."""
