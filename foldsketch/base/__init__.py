"""The ground floor: words that every other floor uses. Imports nothing of foldsketch."""
