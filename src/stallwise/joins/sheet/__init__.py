"""The day sheet: steps on the clock, hands and places, night card, calendar."""
