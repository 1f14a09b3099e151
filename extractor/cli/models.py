"""Speech models: at hand, whole, tuned."""

from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from extractor.cli.arguments import warn


def list_models() -> None:
    """List the speech models, and whether each is at hand.

    The packaged ones, and your own if there is one. The first that is at hand is the default. What a model was tuned
    on, its figures and its limits stand beneath it. Other models need no listing: --model takes any folder that holds
    one, or a hub's name where there is a network.

    \b
    Example: extractor model list
    """
    from extractor.listening import speech_models

    for model in speech_models.list_models():
        typer.echo(f"{model.name:<8} {model.state:<8} {model.size // 1_000_000:>4} MB  {model.where}")
        for line in model.card.lines() if model.card else ():
            typer.echo(f"    {line}")


def verify_models(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="A model; without it every packaged one that is at hand.")
    ] = None,
) -> None:
    """Compare a model's SHA-256, and measure its speed here.

    Every byte is read; of a tuned one also its adapter, and the base it was made from. Speed: seconds of work for a
    second of talk; a draft takes a little more, for others are asked beside the first.

    \b
    Example: extractor model verify
             extractor model verify tiny.en
    """
    from extractor.listening import recogniser, speech_models

    at_hand = tuple(model.name for model in speech_models.list_models() if model.state != "absent")
    for each in (name,) if name else at_hand or (None,):
        model = speech_models.verify(each)
        typer.echo(f"{model.name}: whole, SHA-256 {model.sha256}")
        typer.echo(f"    in {model.folder}")
        for part, sha256 in speech_models.made_of(model).items():
            typer.echo(f"    of {part}, SHA-256 {sha256}")
        loaded = recogniser.load(model)
        where = "on the graphics processor" if loaded.processor == recogniser.GRAPHICS else "on the CPU"
        typer.echo(f"    {loaded.pace():.3f} s of work for a second of talk, {where}")
        if loaded.fault:
            warn(loaded.fault)


def tune_model(
    folders: Annotated[
        list[Path],
        typer.Argument(metavar="FOLDER", help="Signed cases with consent.toml, or folders that hold such cases."),
    ],
    ordinary: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Ordinary speech of real people, none of it of the trade: recordings of less than 28 s, each beside "
            "its text (a.wav, a.txt). Half is learned with, half judges what was forgotten. It must be given.",
        ),
    ] = None,
    sounds: Annotated[
        list[Path] | None,
        typer.Option("--sound", metavar="PATH", help="Where recordings lie that are not in their case's folder."),
    ] = None,
    judges: Annotated[
        list[str] | None,
        typer.Option("--judge", metavar="SPEAKER", help="A speaker to keep aside to judge with; else one is chosen."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="A new folder to keep the adapter in as well, installed or not."),
    ] = None,
    steps: Annotated[int | None, typer.Option(metavar="N", min=1, help="How long to train; 500 if not given.")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but errors.")] = False,
) -> None:
    """Tune a speech model on your own signed cases.

    Only cases whose consent.toml agrees to it. Some are kept aside and judged before and after, as ordinary speech is;
    a model that is no better on the one or worse on the other is not installed. What is installed is the model named
    own, the default from then on. Needs PyTorch and a GPU. Nothing leaves this machine.

    \b
    Example: extractor model tune cases --ordinary read-aloud
    """
    from extractor import terminal
    from extractor.errors import ModelError
    from extractor.tuning import own

    with nullcontext() if quiet else terminal.progress_bar() as progress:
        outcome = own.tune(
            folders,
            ordinary=ordinary,
            sounds=sounds or (),
            judges=judges or (),
            out=out,
            steps=steps or own.STEPS,
            progress=progress,
        )
    if not quiet:
        for line in outcome.lines():
            typer.echo(line)
    if outcome.faults:
        raise ModelError(f"not installed: {'; '.join(outcome.faults)}")


def untune_model() -> None:
    """Take your own tuned model away again.

    Its files stay, under a name with today's date; --model takes that folder. The default is trade again.

    \b
    Example: extractor model untune
    """
    from extractor.errors import ModelError
    from extractor.listening import speech_models

    kept = speech_models.uninstall()
    if kept is None:
        raise ModelError("there is no model of your own; extractor model list shows what there is")
    typer.echo(f"Taken away. Its files stay in {kept}.")
