"""The closed forms of workshop practice, each with its source."""
