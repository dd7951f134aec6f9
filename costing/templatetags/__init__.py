"""Tags of the price pages."""
