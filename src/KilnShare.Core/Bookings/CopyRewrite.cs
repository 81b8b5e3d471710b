using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Bookings;

/// <summary>What a correction of a firing makes of one copy.</summary>
/// <param name="Item">The copy as it went in.</param>
/// <param name="WasIn">It was said to have been in.</param>
/// <param name="IsIn">It was in.</param>
/// <param name="Before">How far it had come before the firing.</param>
/// <param name="Was">How far it was said to have come by the firing.</param>
/// <param name="Is">How far it came.</param>
/// <param name="Now">How far it has come by now.</param>
public sealed record CopyRewrite(LoadItem Item, bool WasIn, bool IsIn, CopyState Before, CopyState Was, CopyState Is, CopyState Now)
{
    /// <summary>True where the correction changes it.</summary>
    public bool IsChange => WasIn != IsIn || !Was.IsFiredLike(Is);

    /// <summary>True where something happened to it after the firing, so that nothing can be changed under it.</summary>
    public bool IsRestedOn => IsChange && !Now.IsFiredLike(Was);

    /// <summary>True where the firing did its step after all: nothing else may be booked for that step.</summary>
    public bool IsDoneAfterAll => IsIn && Is.Step > Before.Step && Now.Step == Before.Step;

    /// <summary>The copy that was in, and is or is not by the corrected list.</summary>
    /// <param name="item">Its line, with what it was before.</param>
    /// <param name="firing">The firing as it was said to have come out.</param>
    /// <param name="now">How far it has come by now.</param>
    public static CopyRewrite OfKept(LoadItem item, Firing firing, CopyState now)
    {
        var was = Given(AsFired(item, firing, now), now);
        return new CopyRewrite(item, true, true, item.Before ?? AsItWentIn(item, now), was, was, now);
    }

    /// <summary>How a copy came out of a firing, whatever was written down of it since.</summary>
    /// <param name="item">Its line, with what it was before.</param>
    /// <param name="firing">The firing.</param>
    /// <param name="now">How far it has come by now.</param>
    public static CopyState AsFired(LoadItem item, Firing firing, CopyState now) => item.Before is { } before
        ? item.After(before, firing)
        // Before the heat was asked after, every firing was taken to have come to its cone.
        : FiringEffect.Whole(AsItWentIn(item, now), item.Coats().Count, firing.Aim.Kind, firing.Aim.Cone);

    /// <summary>A copy that was in though the list did not say so.</summary>
    public static CopyRewrite OfAdded(LoadItem item, CopyState now) => new(item, false, true, now, now, now, now);

    /// <summary>It was not in: it is as it was before.</summary>
    public CopyRewrite TakenOut() => this with { IsIn = false, Is = Given(Before, Now) };

    /// <summary>It was in, and the firing came out as is said now.</summary>
    public CopyRewrite By(Firing firing) => this with { Is = Given(Item.After(Before, firing), Now) };

    // What is lost stays lost, however the firing came out.
    private static CopyState Given(CopyState state, CopyState now) => now.Stage == Stage.Lost ? state with { Stage = Stage.Lost } : state;

    private static CopyState AsItWentIn(LoadItem item, CopyState now)
    {
        var ware = item.Frozen.FiredWare();
        return new CopyState(ware.Stage, Math.Max(0, now.Step - 1))
        {
            BisquedAt = ware.BisquedAt,
            Dryness = ware.Dryness,
            DrySince = ware.DrySince,
            LayersFiredAt = [.. ware.Layers.TakeWhile(l => !l.IsRaw).Select(l => l.FiredAt!.Value)],
        };
    }
}
