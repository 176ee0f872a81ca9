"""Rebuild: features and sections become a part, which is compared with its mesh."""
