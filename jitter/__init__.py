"""jitter: why drop-on-drop splash frames miss, and which tolerance matters most.

The road is one straight line of frozen objects::

    study file -> Study -> deviates -> events -> verdicts -> answer -> screen | JSON | page

Start reading in `jitter.trial`, which walks it once.
"""

__version__ = "0.1.0"
