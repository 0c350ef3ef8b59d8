"""A gauge on a pseudo terminal that answers questions, as a process of its own.

It echoes each question ended by a return, then answers with the number of answers before.
"""

import os
import sys

from tests.sensors.gauge_process import open_line


def main(link: str) -> None:
    master = open_line(link)
    question, answers = b"", 0
    while data := os.read(master, 100):
        question += data
        while b"\r" in question:
            first, question = question.split(b"\r", 1)
            os.write(master, first + b"\r\n%d\r\n" % answers)
            answers += 1


if __name__ == "__main__":
    main(sys.argv[1])
