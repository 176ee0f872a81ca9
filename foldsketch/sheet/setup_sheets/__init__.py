"""Set-up sheets to leave on the table."""
