"""Writers: drawings become PDF, SVG or DXF, nets become JSON, flat faces become a PNG."""
