"""Mass, centre and moments of a part from its dimensions, by exact sections."""
