//! How worn, why, how long, how much, and the answer in words. Pure.
