// The sentences in another language, by their English: the server writes this file for a shop that reads one (field_words.py).
export const SPOKEN = {};
export const form = (n) => Number(n !== 1);
