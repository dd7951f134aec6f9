"""How far an estimate may be off: every driver's spread carried to rubber, hours, days, cost and price."""
