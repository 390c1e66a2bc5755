"""What the oil does in the gap: pressure, load, friction, flow, heat, motion."""
