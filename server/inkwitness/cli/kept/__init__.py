"""Commands that work in the data folder: photos in, goods found, what leaves, the records."""
