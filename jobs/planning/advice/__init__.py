"""What a plan advises, beside what the mold maker decided."""
