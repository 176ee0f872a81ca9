"""The rebuilt part or the flat panels, compared with the file before anything is written."""
