/** Ratings that blade and bolt-in fuses are sold in, A (ISO 8820-3, -5 and the series that makers keep; from memory). */
export const FUSE_RATINGS_A = [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500] as const;

/** Rated DC voltages that they are sold with, V: road vehicles of 12 to 24 V and of 48 V, trucks and traction. Common practice, no source. */
export const FUSE_VOLTAGES_V = [32, 58, 80, 125] as const;
