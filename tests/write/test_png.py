"""The picture stands in the middle of its paper."""

import io

import pytest
from PIL import Image, ImageChops

import parts
from foldsketch.job import pipeline
from foldsketch.job.preview import preview_png


@pytest.mark.parametrize("part", [parts.BORED, parts.ROCKER, parts.TWO_SPIGOTS], ids=lambda p: p.name)
def test_the_model_stands_in_the_middle_of_the_picture(part):
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0))
    image = Image.open(io.BytesIO(preview_png(part, made.faceted, made.solids, 1.0)))
    left, top, right, foot = ImageChops.invert(image.convert("L")).getbbox()
    assert abs(left - (image.width - right)) <= 1
    assert abs(top - (image.height - foot)) <= 1
