"""What goes wrong in the trade, judged by a plan's numbers."""
