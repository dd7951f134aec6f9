"""What a client sees of a quote, and by which secret address."""
