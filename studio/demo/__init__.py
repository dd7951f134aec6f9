"""An invented studio to try everything on: invented people, clients, pieces and prices."""
