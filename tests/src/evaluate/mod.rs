//! How well the ranking does on cases of the independent plant.
