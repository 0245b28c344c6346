"""Our answers, from `core/physics/examples/answer`: one question a JSON line."""

import json
import os
import subprocess


class Ours:
    """The answering program, kept open."""

    def __init__(self):
        self.program = subprocess.Popen(
            [os.environ["ANSWER"]], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def ask(self, question, **numbers):
        """One answer as a dictionary; an error is raised."""
        json.dump({"ask": question, **numbers}, self.program.stdin)
        self.program.stdin.write("\n")
        self.program.stdin.flush()
        answer = json.loads(self.program.stdout.readline())
        if "error" in answer:
            raise ValueError(f"{question}: {answer['error']}")
        return answer
