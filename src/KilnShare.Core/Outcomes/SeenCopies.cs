using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>A piece behind some evidence, as people name it.</summary>
/// <param name="Id">The piece.</param>
/// <param name="Name">What it is.</param>
/// <param name="Mark">The sign under its foot, as it was when it went in; null where it had none.</param>
public sealed record SeenPiece(Id<Piece> Id, string Name, string? Mark);

/// <summary>Copies alike that one firing brought out alike: what evidence is counted from.</summary>
/// <param name="FiringId">The firing.</param>
/// <param name="On">The day it was unloaded, in the studio's zone.</param>
/// <param name="Aim">The firing, with the cone that the ware was really fired to.</param>
/// <param name="Clay">Their clay.</param>
/// <param name="Layers">Their coats, lowest first, as they went in: what this firing fired is raw.</param>
/// <param name="Grade">How they came out.</param>
/// <param name="Defects">What was seen on each of them.</param>
/// <param name="Copies">How many.</param>
public sealed record SeenCopies(
    Id<Firing> FiringId, LocalDate On, FiringAim Aim, ClayBody Clay, IReadOnlyList<Layer> Layers, OutcomeGrade Grade, IReadOnlyList<Defect> Defects, int Copies)
{
    /// <summary>The kiln.</summary>
    public Id<Kiln> KilnId { get; init; }

    /// <summary>When the firing began, as planned where nobody knows better.</summary>
    public Instant StartedAt { get; init; }

    /// <summary>The part of the kiln they stood in; null where nobody knows.</summary>
    public KilnLevel? Level { get; init; }

    /// <summary>Which pieces they are; empty where nobody asked.</summary>
    public IReadOnlyList<SeenPiece> Pieces { get; init; } = [];

    /// <summary>Usable or better, and it harmed nothing else.</summary>
    public bool IsSound => Grade < OutcomeGrade.Poor && !IsStuck;

    /// <summary>Stuck to a shelf or a neighbour.</summary>
    public bool IsStuck => Defects.Contains(Defect.Stuck);

    /// <summary>The coats that this firing fired.</summary>
    public IEnumerable<Layer> Fired => Layers.Where(l => l.IsRaw);

    /// <summary>
    /// Copies with the cone that they were really fired to, and with the coats that this firing fired or found fired. Null where the firing came to no cone,
    /// or fired none of the coats that went in raw: it then says nothing of how they come out.
    /// </summary>
    /// <param name="ware">As they went in.</param>
    /// <param name="firing">The firing.</param>
    /// <param name="zone">The studio's zone.</param>
    /// <param name="grade">How they came out.</param>
    /// <param name="defects">What was seen on each of them.</param>
    /// <param name="copies">How many.</param>
    public static SeenCopies? Of(Ware ware, Firing firing, DateTimeZone zone, OutcomeGrade grade, IReadOnlyList<Defect> defects, int copies)
    {
        var outcome = firing.Outcome ?? FiringOutcome.Sound;
        if (FiringEffect.ConeOf(firing.Aim, outcome, firing.Heat()) is not { } cone) return null;
        var at = firing.UnloadedAt ?? firing.EndsAt;
        var before = new CopyState(ware.Stage, 0) { LayersFiredAt = [.. ware.Layers.TakeWhile(l => !l.IsRaw).Select(l => l.FiredAt!.Value)] };
        var fired = FiringEffect.On(before, [.. ware.Layers.Select(l => l.Glaze.Cones)], firing.Aim, outcome, firing.Heat(), at).LayersFiredAt.Count;
        if (before.LayersFiredAt.Count < ware.Layers.Count && fired <= before.LayersFiredAt.Count) return null;
        return new SeenCopies(
            firing.Id, at.InZone(zone).Date, firing.Aim with { Cone = cone }, ware.Clay, [.. ware.Layers.Take(fired)], grade, defects, copies)
        {
            KilnId = firing.KilnId,
            StartedAt = firing.LitAt ?? firing.StartsAt,
        };
    }
}
