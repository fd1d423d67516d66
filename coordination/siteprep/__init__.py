"""What a small lift needs of a building: facts in, a plan out. Pure; reads no file but the catalogue."""
