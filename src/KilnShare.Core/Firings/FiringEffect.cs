using KilnShare.Core.Cones;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>What a firing did to a copy that was in it: by its outcome and by the heat it reached.</summary>
public static class FiringEffect
{
    /// <summary>Clay that has been so hot has begun to sinter: it is bisque, however soft, and no longer greenware.</summary>
    /// <remarks>Source: sintering begins at 800–900 °C (American Ceramic Society kiln firing chart, 2005). Units: °C.</remarks>
    public const double SinteredC = 800;

    /// <summary>Clay that has been so hot holds no free water.</summary>
    /// <remarks>Source: free water turns to steam at 100 °C (American Ceramic Society kiln firing chart, 2005). Units: °C.</remarks>
    public const double DriedC = 100;

    /// <summary>The cone that the ware was fired to; null where the firing came to none, or nobody knows.</summary>
    public static Cone? ConeOf(FiringAim aim, FiringOutcome outcome, HeatReached? heat) => outcome switch
    {
        FiringOutcome.Sound => aim.Cone,
        FiringOutcome.Over => heat?.Cone is { } hotter && hotter > aim.Cone ? hotter : aim.Cone,
        _ => heat?.Cone,
    };

    /// <summary>The copy after the firing.</summary>
    /// <remarks>
    /// A firing that came to its cone does its step whole. One that stayed below does what its heat does: greenware that sintered is bisque at the cone
    /// reached, otherwise greenware still, and dry from 100 °C; a coat is fired where the cone reached lies in its range, from the lowest coat up, and is raw
    /// otherwise. The step is done where all of that is done; else the copy is to be fired for it again. Where nobody knows the heat, nothing is taken to
    /// have happened. Source: common practice, no source, but for the two temperatures above.
    /// </remarks>
    /// <param name="before">As it went in.</param>
    /// <param name="coats">The ranges of the coats that were on it, lowest first; null where nobody knows one.</param>
    /// <param name="aim">What the firing was to be.</param>
    /// <param name="outcome">How it came out.</param>
    /// <param name="heat">How hot it became; null where nobody knows.</param>
    /// <param name="at">When it was unloaded.</param>
    public static CopyState On(CopyState before, IReadOnlyList<ConeRange?> coats, FiringAim aim, FiringOutcome outcome, HeatReached? heat, Instant at)
    {
        if (ConeOf(aim, outcome, heat) is { } cone && cone >= aim.Cone) return Whole(before, coats.Count, aim.Kind, cone);
        return heat is null ? before : InPart(before, coats, aim, heat, at);
    }

    /// <summary>The copy after a firing of that kind that came to its cone.</summary>
    /// <param name="before">As it went in.</param>
    /// <param name="coats">How many coats were on it.</param>
    /// <param name="kind">The kind of firing.</param>
    /// <param name="cone">The cone it came to.</param>
    public static CopyState Whole(CopyState before, int coats, FiringKind kind, Cone cone)
    {
        var stage = kind.StageAfter(before.Stage);
        return before with
        {
            Stage = stage,
            Step = before.Step + 1,
            BisquedAt = before.Stage == Stage.Greenware && stage == Stage.Bisque ? cone : before.BisquedAt,
            LayersFiredAt = Fired(before, coats, cone),
        };
    }

    private static CopyState InPart(CopyState before, IReadOnlyList<ConeRange?> coats, FiringAim aim, HeatReached heat, Instant at)
    {
        var (hot, wasGreen) = (heat.AtLeastC(aim.Series), before.Stage == Stage.Greenware);
        var isGreen = wasGreen && !(hot >= SinteredC);
        var fired = FiredCoats(before.LayersFiredAt.Count, coats, aim, heat);
        var dried = isGreen && hot >= DriedC;
        var after = before with
        {
            Stage = wasGreen && !isGreen ? Stage.Bisque : before.Stage,
            BisquedAt = wasGreen && !isGreen ? heat.Cone : before.BisquedAt,
            Dryness = dried ? Dryness.Dry : before.Dryness,
            DrySince = dried ? before.DrySince ?? at : before.DrySince,
            LayersFiredAt = heat.Cone is { } at0 ? Fired(before, fired, at0) : before.LayersFiredAt,
        };
        return IsDone(before, after, coats.Count, aim.Kind) ? after with { Stage = aim.Kind.StageAfter(after.Stage), Step = before.Step + 1 } : after;
    }

    /// <summary>A bisque is done where the clay sintered; everything else where a raw coat was on and every one of them is fired.</summary>
    private static bool IsDone(CopyState before, CopyState after, int coats, FiringKind kind)
    {
        var sintered = after.Stage != Stage.Greenware;
        if (kind == FiringKind.Bisque) return sintered;
        return sintered && coats > before.LayersFiredAt.Count && after.LayersFiredAt.Count >= coats;
    }

    private static int FiredCoats(int before, IReadOnlyList<ConeRange?> coats, FiringAim aim, HeatReached heat) => heat.Cone is { } cone
        ? Math.Max(before, coats.TakeWhile((range, i) => i < before || Matures(range, cone, aim.Series)).Count())
        : before;

    /// <summary>A coat whose range nobody knows counts as fired only where the firing came to its own cone.</summary>
    private static bool Matures(ConeRange? range, Cone reached, ConeSeries series) =>
        range is not null && (range.Series ?? series) == series && reached >= range.From;

    private static IReadOnlyList<Cone> Fired(CopyState before, int coats, Cone cone) =>
        [.. before.LayersFiredAt, .. Enumerable.Repeat(cone, Math.Max(0, coats - before.LayersFiredAt.Count))];
}
