"""Writers: a Drawing becomes PDF, SVG or PNG, and models become JSON. No geometry here."""
