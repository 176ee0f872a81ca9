"""Solids: features faceted to prisms, prisms joined to blocks, blocks seen as skins."""
