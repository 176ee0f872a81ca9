"""How sdist and wheel are built: by setuptools, which takes the list of an sdist's files from here.

It looks for that list at the top of the tree alone, where nothing stands that a reader need not see.
"""

from setuptools.build_meta import *  # noqa: F403
from setuptools.command.egg_info import manifest_maker

manifest_maker.template = ".ci/manifest.in"
