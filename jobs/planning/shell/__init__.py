"""The rigid backing: what it covers, how it is put together, what is lifted."""
