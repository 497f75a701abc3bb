"""Measure jitter side by side with plainer roads to the same answers; asserts nothing.

    python -m tests.benchmark               all tables, about three minutes
    python -m tests.benchmark --quick       about one minute, coarser
    python -m tests.benchmark --long        with ten and a hundred million shots, every command
    python -m tests.benchmark --readme      all tables, and their summary into the README
    python -m tests.benchmark smooth start  some tables only

Seconds differ from machine to machine; the ratios hold better. All tables are Markdown, the last
of them is the README's.
"""
