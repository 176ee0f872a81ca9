"""One module for each command, and what several of them share."""
