"""The page and the file to send: the top floor, which may see everything below."""
