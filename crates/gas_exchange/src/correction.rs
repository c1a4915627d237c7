//! Power corrected to standard conditions (SAE J1349, ISO 1585).
