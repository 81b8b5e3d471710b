namespace KilnShare.Core.Outcomes;

/// <summary>What ware did, in a potter's words, after "3 of 14".</summary>
public static class OutcomeWords
{
    /// <summary>Usable, and it harmed nothing else.</summary>
    public const string Sound = "came out sound";

    /// <summary>What ware with a defect did.</summary>
    public static string Of(Defect defect) => defect switch
    {
        Defect.Crazing => "crazed",
        Defect.Shivering => "shivered",
        Defect.Crawling => "crawled",
        Defect.Pinholing => "had pinholes",
        Defect.Blistering => "blistered",
        Defect.Running => "ran",
        Defect.Bloating => "bloated",
        Defect.Warping => "warped",
        Defect.Cracking => "cracked",
        Defect.Underfired => "came out underfired",
        Defect.ColourOff => "came out in another colour than hoped",
        Defect.Stuck => "stuck",
        Defect.Burst => "burst",
        Defect.Dunting => "dunted",
        Defect.Overfired => "came out overfired",
        _ => $"showed {defect.ToString().ToLowerInvariant()}",
    };
}
