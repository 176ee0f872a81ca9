"""The machine file: text to Machine, with errors that name the line and a list of the defaults used."""
