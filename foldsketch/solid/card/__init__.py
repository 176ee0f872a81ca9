"""Card thickness: faces drawn in by half of it."""
