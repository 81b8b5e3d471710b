namespace KilnShare.Core.Costs;

/// <summary>One party's part of one part of the cost.</summary>
/// <param name="Name">Name of the part.</param>
/// <param name="AmountMinor">Minor units.</param>
public sealed record SharePart(string Name, long AmountMinor);

/// <summary>What one party bears.</summary>
/// <param name="Id">The member; null for the studio.</param>
/// <param name="Studio">True for the studio, which bears the unused space.</param>
/// <param name="AmountMinor">Minor units, all parts together.</param>
/// <param name="Parts">The parts it takes part in.</param>
public sealed record Share(string? Id, bool Studio, long AmountMinor, IReadOnlyList<SharePart> Parts)
{
    /// <summary>The studio with nothing to bear yet.</summary>
    public static Share OfStudio { get; } = new(null, true, 0, []);

    /// <summary>The share with one part more.</summary>
    public Share With(string part, long amountMinor) =>
        this with { AmountMinor = AmountMinor + amountMinor, Parts = [.. Parts, new SharePart(part, amountMinor)] };
}

/// <summary>Something members should know about how a part was divided.</summary>
/// <param name="Code">Stable code, <c>costs.what-it-is</c>.</param>
/// <param name="Part">Name of the part.</param>
/// <param name="Message">One sentence with the figures.</param>
public sealed record SplitNote(string Code, string Part, string Message);

/// <summary>A firing's cost, divided: the shares add up to the total, part by part.</summary>
/// <param name="Shares">In the order of the members asked about; the studio, where it is a party, last.</param>
/// <param name="TotalMinor">Minor units.</param>
/// <param name="Notes">What members should know.</param>
public sealed record CostSplitAnswer(IReadOnlyList<Share> Shares, long TotalMinor, IReadOnlyList<SplitNote> Notes);
