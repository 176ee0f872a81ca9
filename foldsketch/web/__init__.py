"""The local page and the file to send: above the jobs, below the commands."""
