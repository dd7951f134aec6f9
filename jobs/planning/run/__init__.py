"""The run of castings: skins, turning, the frame, the life of molds, and several of them."""
