"""Set-ups: which axis on which centreline, and what it costs. Knows nothing of paper."""
