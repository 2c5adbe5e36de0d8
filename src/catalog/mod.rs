//! What a unit is: JSON in, checked model out.
