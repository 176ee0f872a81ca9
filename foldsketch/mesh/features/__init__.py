"""Surfaces to features on axes, with names, places and roles."""
