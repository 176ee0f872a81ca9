"""The part file: text to Part and back, with findings that name the line."""
