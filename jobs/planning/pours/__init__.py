"""One pour of rubber in place of coats."""
