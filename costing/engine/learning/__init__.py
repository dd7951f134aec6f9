"""What the studio's log teaches: its own rates of work, and how good its estimates were."""
