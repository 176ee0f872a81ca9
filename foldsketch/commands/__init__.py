"""One module a command: its words on the command line and what it does with them; and what several of them share."""
