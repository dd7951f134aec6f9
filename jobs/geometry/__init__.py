"""From a measured piece to its takeoff: the quantities that plan and price the mold. Pure; imports no Django."""
