"""Exercises for apprentices: worksheet and answers."""
