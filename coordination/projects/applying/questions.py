"""Questions: one row per fact; answering the fact retires it, forgetting the answer revives it."""

from coordination.access.models import Project
from coordination.projects.applying.rows import keep
from coordination.projects.applying.tasks import as_json
from coordination.projects.models import Question
from coordination.siteprep.plan_parts import Plan


def keep_questions(project: Project, plan: Plan, number: int) -> None:
    standing = {question.fact: question for question in Question.objects.filter(project=project)}
    wanted = {
        question.fact: {"fact": question.fact, "derived": as_json(question), "decides": question.decides}
        for question in plan.questions
    }
    keep(Question, standing, wanted, number, first={"project": project})
