"""Where words, letters and numbers fit on a panel."""
