"""One module a command: its words on the command line and what it does with them."""
