//! The protocol's terms: positions, texts and answers as the client counts and names them, and nothing but conversion.
