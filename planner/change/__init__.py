"""What would be other: swap, instead, choices, why, and what clashes where no week can be."""
