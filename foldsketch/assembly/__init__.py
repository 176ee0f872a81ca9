"""The order of building: steps, batches that close at once, half-folded states, work and time, warnings."""
