"""Every sentence with a result in it: ten for the season, five for an apiary.

Facts before model, and an action in every line that has one.
"""

from kit.report.words.apiary import apiary_sentences
from kit.report.words.phrases import Sentence
from kit.report.words.season import season_sentences

__all__ = ["Sentence", "apiary_sentences", "season_sentences"]
