using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>A firing that could be held, with all the pieces that could go into it together.</summary>
/// <param name="Kind">Its kind.</param>
/// <param name="Series">The series of its cone.</param>
/// <param name="Cone">Its cone.</param>
/// <param name="Atmosphere">Its atmosphere.</param>
/// <param name="Pieces">Places of the pieces in the problem's list, rising.</param>
public sealed record PossibleFiring(FiringKind Kind, ConeSeries Series, Cone Cone, Atmosphere Atmosphere, IReadOnlyList<int> Pieces);

/// <summary>Pieces that can never share a firing with those of another part: they are of another kind.</summary>
/// <param name="Pieces">Places of the pieces in the problem's list, rising; each is in at least one possible firing.</param>
/// <param name="Firings">The possible firings; any set of pieces that may share a firing lies within one of them where <paramref name="IsComplete"/>.</param>
/// <param name="IsComplete">False where only some of the possible firings are listed.</param>
public sealed record FiringGroupsPart(IReadOnlyList<int> Pieces, IReadOnlyList<PossibleFiring> Firings, bool IsComplete);

/// <summary>A piece that no firing can be found for.</summary>
/// <param name="Id">The piece.</param>
/// <param name="Reason">Why, and what to do.</param>
public sealed record LeftOut(string Id, string Reason);

/// <summary>What holds for every firing of a grouping.</summary>
/// <param name="KilnRatedCone">The hottest cone of the kilns there are; null: any.</param>
/// <param name="HouseRules">What the studio itself permits; null where it has no rules of its own.</param>
public sealed record FiringBounds(Cone? KilnRatedCone = null, HouseRules? HouseRules = null)
{
    /// <summary>A firing within them.</summary>
    public FiringPlan Plan(FiringKind kind, Cone cone, ConeSeries series, Atmosphere atmosphere) =>
        new(kind, cone, series, atmosphere) { KilnRatedCone = KilnRatedCone, HouseRules = HouseRules };
}

/// <summary>Pieces whose next steps are to be done in the fewest firings.</summary>
public sealed class FiringGroupsProblem
{
    /// <summary>The most pieces that are taken at once.</summary>
    public const int MostPieces = 2000;

    private FiringGroupsProblem(IReadOnlyList<Ware> pieces, FiringBounds bounds, IReadOnlyList<FiringGroupsPart> parts, IReadOnlyList<LeftOut> leftOut)
    {
        Pieces = pieces;
        Bounds = bounds;
        Parts = parts;
        LeftOut = leftOut;
    }

    /// <summary>All pieces.</summary>
    public IReadOnlyList<Ware> Pieces { get; }

    /// <summary>What holds for every firing.</summary>
    public FiringBounds Bounds { get; }

    /// <summary>The pieces that can be fired, in parts that have nothing to do with each other.</summary>
    public IReadOnlyList<FiringGroupsPart> Parts { get; }

    /// <summary>The pieces that cannot.</summary>
    public IReadOnlyList<LeftOut> LeftOut { get; }

    /// <summary>The problem of these pieces.</summary>
    /// <param name="pieces">The pieces, each with an id of its own.</param>
    /// <param name="bounds">What holds for every firing; absent: nothing beyond the rules of the trade.</param>
    /// <param name="series">The series of cone ranges that name none.</param>
    public static Result<FiringGroupsProblem> Of(IReadOnlyList<Ware> pieces, FiringBounds? bounds = null, ConeSeries series = ConeSeries.SelfSupporting)
    {
        bounds ??= new FiringBounds();
        if (pieces.Count == 0) return Refusal.Invalid("cofiring.no-pieces", "Name at least one piece to be fired.", "/pieces");
        if (pieces.Count > MostPieces)
            return Refusal.Invalid("cofiring.too-many-pieces", $"At most {MostPieces} pieces are grouped at once: ask in parts.", "/pieces");
        if (pieces.Select(piece => piece.Id).Distinct(StringComparer.Ordinal).Count() != pieces.Count)
            return Refusal.Invalid("cofiring.same-id-twice", "Two pieces have the same id: give each its own.", "/pieces");
        var read = SeriesOf(pieces, series);
        var steps = pieces.Select(piece => PossibleSlots.Of(piece, bounds, read)).ToArray();
        var parts = Enumerable.Range(0, pieces.Count).Where(i => steps[i].WhyNot is null)
            .GroupBy(i => steps[i].Kind)
            .OrderBy(part => part.Key)
            .Select(part => PossibleFirings.Of(pieces, [.. part], steps, read))
            .ToArray();
        LeftOut[] leftOut = [.. steps.Zip(pieces).Where(one => one.First.WhyNot is not null).Select(one => new LeftOut(one.Second.Id, one.First.WhyNot!))];
        return new FiringGroupsProblem(pieces, bounds, parts, leftOut);
    }

    private static ConeSeries[] SeriesOf(IReadOnlyList<Ware> pieces, ConeSeries usual) =>
    [
        .. pieces.SelectMany(piece => piece.Layers.Select(layer => layer.Glaze.Cones).Append(piece.Clay.Cones).Append(piece.Clay.BisqueCones))
            .Select(range => range?.Series).OfType<ConeSeries>().Order().Prepend(usual).Distinct(),
    ];
}
