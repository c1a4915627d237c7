//! Compressor and turbine maps, the shaft between them, the wastegate.
