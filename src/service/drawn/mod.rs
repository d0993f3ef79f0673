//! Pictures: charts and schematics as SVG that stands by itself. Measured in millimetres, so that it prints at its own size;
//! presentation by attributes alone, so that no policy for contents can take it away.

pub mod chart;
mod pen;
pub mod schematic;
