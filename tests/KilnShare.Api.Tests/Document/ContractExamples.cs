namespace KilnShare.Api.Tests.Document;

/// <summary>The questions that the contract of the calls itself shows, searched by iterations so that the answer is the same on any machine.</summary>
internal static class ContractExamples
{
    public const string LoadPlan = """
        {
          "chamber": { "footprint": {"kind":"circle","diameterMm":585}, "heightMm": 685, "wallClearanceMm": 25, "lidClearanceMm": 12 },
          "furniture": {
            "shelves": [ {"id":"full","footprint":{"kind":"circle","diameterMm":533},"thicknessMm":19,"count":4},
                         {"id":"half","footprint":{"kind":"halfCircle","diameterMm":533},"thicknessMm":19,"count":4} ],
            "postHeights": "stock",
            "posts": [ {"heightMm":25,"count":9}, {"heightMm":50,"count":9}, {"heightMm":100,"count":12}, {"heightMm":150,"count":12} ],
            "postDiameterMm": 38, "postInsetMm": 25
          },
          "spacing": { "gapMm": 6, "headroomMm": 12, "shelfGapMm": 3 },
          "pieces": [ {"id":"mug","footprint":{"kind":"circle","diameterMm":90},"heightMm":110,"massG":380,"quantity":2,"priority":1} ],
          "keepOuts": [ {"footprint":{"kind":"circle","diameterMm":50},"xMm":250,"yMm":0,"fromMm":300,"toMm":380} ],
          "start": null, "keep": "none", "pinned": [],
          "search": { "iterations": 200, "seed": 1 }
        }
        """;

    public const string LoadSeries = """
        {
          "chamber": { "footprint": {"kind":"circle","diameterMm":585}, "heightMm": 300, "wallClearanceMm": 25, "lidClearanceMm": 12 },
          "furniture": {
            "shelves": [ {"id":"full","footprint":{"kind":"circle","diameterMm":533},"thicknessMm":19,"count":2} ],
            "postHeights": "stock", "posts": [ {"heightMm":25,"count":6}, {"heightMm":100,"count":6}, {"heightMm":125,"count":6} ],
            "postDiameterMm": 38, "postInsetMm": 25
          },
          "spacing": { "gapMm": 6, "headroomMm": 12, "shelfGapMm": 3 },
          "pieces": [ {"id":"platter","footprint":{"kind":"circle","diameterMm":300},"heightMm":45,"massG":1900,"quantity":5},
                      {"id":"mug","footprint":{"kind":"circle","diameterMm":90},"heightMm":110,"massG":380,"quantity":20} ],
          "search": { "iterations": 400, "seed": 1 }
        }
        """;

    public const string CoFiring = """
        { "firing": {"kind":"glaze","cone":"6","series":"selfSupporting","atmosphere":"oxidation"},
          "pieces": [ {"id":"p1","stage":"bisque","bisquedAt":"04","forFood":true,"bareFootMm":6,"onCatcher":false,
            "clay": {"name":"grey stoneware","cones":{"from":"5","to":"7"},"bisqueCones":{"from":"08","to":"04"},"atmospheres":["oxidation","reduction"],
             "expansionPpmPerC":5.4,"expansionMethod":"dilatometer 20-500 C","absorptionPercent":2.0},
            "layers": [ {"glaze":{"name":"tin white","kind":"glaze","cones":{"from":"5","to":"6"},"atmospheres":["oxidation"],"expansionPpmPerC":6.2,
             "expansionMethod":"dilatometer 20-500 C","contains":[{"what":"tin","percent":6}],"movement":"stable"},"coats":2,"where":"outside",
             "firedAt":null} ] } ] }
        """;

    public const string CostSplit = """
        { "currency":"EUR", "tieSeed":"",
          "parts":[ {"name":"energy","amountMinor":2750,"basis":"volume"}, {"name":"wear","amountMinor":500,"basis":"equal"}, {"name":"stilts",
           "amountMinor":200,"basis":"direct","to":"a"} ],
          "members":[ {"id":"a","pieces":3,"footprintCm2":240,"volumeCm3":9600,"massG":2100,"ownHeatKwh":2.314,"levelHeightsMm":[120,0,85]},
                      {"id":"b","pieces":2,"footprintCm2":90,"volumeCm3":3600,"massG":900,"ownHeatKwh":0.9,"levelHeightsMm":[0,110,85]} ],
          "minimumMinor": 0, "unusedSpace":"spread" }
        """;
}
