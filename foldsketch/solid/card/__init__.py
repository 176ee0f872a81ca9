"""Compensation for card thickness: faces move inwards by half of it."""
