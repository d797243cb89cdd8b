"""A contest day: several hand-ins at fixed minutes, more cooked than is needed, and what was picked."""
