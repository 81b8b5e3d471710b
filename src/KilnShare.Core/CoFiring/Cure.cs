using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.CoFiring;

/// <summary>What a cure changes.</summary>
public enum CureChange
{
    /// <summary>Fire this load at another cone (<see cref="Cure.Cone"/>).</summary>
    FiringCone,

    /// <summary>Read this firing by cones of another series (<see cref="Cure.Series"/>).</summary>
    FiringSeries,

    /// <summary>Start this firing as slowly as a bisque.</summary>
    BisqueStart,

    /// <summary>Put the pieces into another firing (<see cref="Cure.Kind"/>, <see cref="Cure.Cone"/>, <see cref="Cure.Atmosphere"/>).</summary>
    AnotherFiring,

    /// <summary>Stand the pieces on catchers.</summary>
    Catcher,

    /// <summary>Wipe the foot free of glaze up to <see cref="Cure.Amount"/> mm.</summary>
    BareFoot,

    /// <summary>Fire the pieces without stilts.</summary>
    NoStilts,

    /// <summary>Let the pieces dry until they have had <see cref="Cure.Amount"/> hours before the firing.</summary>
    DryFirst,

    /// <summary>Declare the pieces for a single firing.</summary>
    DeclareSingleFire,

    /// <summary>Give the pieces another use than food.</summary>
    NotForFood,

    /// <summary>Fire a test of the same materials first.</summary>
    TestFirst,

    /// <summary>Fire the lid beside its jar.</summary>
    LidApart,
}

/// <summary>A change that removes a finding: a second check of the changed load no longer makes it.</summary>
/// <param name="Change">What to change.</param>
/// <param name="Pieces">The pieces it is done to; empty when it is done to the firing.</param>
public sealed record Cure(CureChange Change, IReadOnlyList<string> Pieces)
{
    /// <summary>The cone to fire at.</summary>
    public Cone? Cone { get; init; }

    /// <summary>The kind of the other firing.</summary>
    public FiringKind? Kind { get; init; }

    /// <summary>The atmosphere of the other firing.</summary>
    public Atmosphere? Atmosphere { get; init; }

    /// <summary>The series to read the firing by.</summary>
    public ConeSeries? Series { get; init; }

    /// <summary>Millimetres or hours, as <see cref="Change"/> says.</summary>
    public decimal? Amount { get; init; }

    /// <summary>The load as it is once the change is made; pieces that go to another firing are no longer in it.</summary>
    public (FiringPlan Firing, IReadOnlyList<Ware> Pieces) Apply(FiringPlan firing, IReadOnlyList<Ware> pieces) => Change switch
    {
        CureChange.FiringCone => (firing with { Cone = Cone!.Value }, pieces),
        CureChange.FiringSeries => (firing with { Series = Series!.Value }, pieces),
        CureChange.BisqueStart => (firing with { BisqueStart = true }, pieces),
        CureChange.AnotherFiring => (firing, [.. pieces.Where(piece => !Names(piece))]),
        _ => (firing, [.. pieces.Select(piece => Names(piece) ? Changed(firing, piece) : piece)]),
    };

    private bool Names(Ware piece) => Pieces.Contains(piece.Id, StringComparer.Ordinal);

    private Ware Changed(FiringPlan firing, Ware piece) => Change switch
    {
        CureChange.Catcher => piece with { OnCatcher = true },
        CureChange.BareFoot => piece with { BareFootMm = Amount },
        CureChange.NoStilts => piece with { OnStilts = false },
        CureChange.DryFirst => piece with { Dryness = Dryness.Dry, DrySince = DrySince(firing) },
        CureChange.DeclareSingleFire => piece with { SingleFire = true },
        CureChange.NotForFood => piece with { ForFood = false },
        CureChange.TestFirst => piece with { Tested = true },
        CureChange.LidApart => piece with { Lid = Lid.Apart },
        _ => piece,
    };

    private Instant? DrySince(FiringPlan firing) => firing.At - Duration.FromMinutes((long)((Amount ?? 0m) * 60m));

    internal static Cure Fire(Cone cone) => new(CureChange.FiringCone, []) { Cone = cone };

    internal static Cure To(CureChange change, Ware piece, decimal? amount = null) => new(change, [piece.Id]) { Amount = amount };

    internal static Cure Elsewhere(IReadOnlyList<string> pieces, FiringKind kind, Cone cone, Atmosphere atmosphere) =>
        new(CureChange.AnotherFiring, pieces) { Kind = kind, Cone = cone, Atmosphere = atmosphere };
}
