"""What the measured shape tells beyond its takeoff: shell pieces, fill, scrap, positions, gauge blocks, pictures."""
