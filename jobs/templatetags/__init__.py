"""Tags of the jobs pages."""
