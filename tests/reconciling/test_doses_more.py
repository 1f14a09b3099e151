"""Doses told as one more, what numbs before the skin is cut, what a laboratory tells, contrast beside a way in."""

import pytest

from .telling import tells

test_doses_and_contrast = tells(
    [
        pytest.param(
            "Heparin, six thousand units, was administered. A second dose of three thousand followed after an hour.",
            ["drug done heparin | dose 6000 [iU]", "drug done heparin | dose 3000 [iU]"],
            id="a second dose that followed is no dose of rays",
        ),
        pytest.param(
            "Heparin, four thousand. In.\nACT is one ninety. Add two thousand. Added.",
            [
                "drug done heparin | dose 4000 [iU]",
                "measure done | act 190 s",
                "drug done heparin | dose 2000 [iU]",
            ],
            id="added behind a clotting time",
        ),
        pytest.param(
            "Contrast sixty mils, a dose of nine hundred milligray.",
            ["total done | air_kerma 900 mGy, contrast_volume 60 mL"],
            id="a dose of rays stays one",
        ),
        pytest.param(
            "Lidocaine, eleven mils. A small nick there.", ["drug done lidocaine | dose 11 mL"], id="cut, so numb"
        ),
        pytest.param(
            "Ten mils of adrenaline given. Sats ninety... no, ninety-four.",
            ["drug done adrenaline | dose 10 mL"],
            id="another figure is put right than the dose",
        ),
        pytest.param(
            "Heparin five thousand given. Weight is eighty. No, ninety.",
            ["drug done heparin | dose 5000 [iU]"],
            id="and in sentences of their own",
        ),
        pytest.param(
            "Lidocaine, eleven mils, please. Cut the string.", ["drug planned lidocaine | dose 11 mL"], id="no skin"
        ),
        pytest.param(
            "Lidocaine, eleven mils, please. Shall I cut?", ["drug planned lidocaine | dose 11 mL"], id="asked"
        ),
        pytest.param(
            "Albumin, thirty grams, has been given.", ["drug done albumin | dose 30 g"], id="what is drawn from blood"
        ),
        pytest.param("Her albumin is thirty.", [], id="and what is measured in it"),
        pytest.param("Contrast through the drain, three. Fine.", ["run done | volume 3 mL"], id="by a drain"),
        pytest.param(
            "Dye down the tube, six mils. And dye into the upper one, four mils.",
            ["run done | volume 6 mL", "run done | volume 4 mL"],
            id="into the other",
        ),
        pytest.param("Contrast in the cupboard, ten.\nContrast in the left arm, ten past nine.", [], id="kept"),
        pytest.param(
            "Dye, three.\nDye, three again.", ["run done | volume 3 mL", "run done | volume 3 mL"], id="once more"
        ),
    ]
)
