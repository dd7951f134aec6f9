"""Calendar feeds of people: what is said in them and the addresses under which they are read."""
