namespace KilnShare.Core.CoFiring;

/// <summary>Whom a finding touches.</summary>
public enum Touches
{
    /// <summary>Kiln, shelves and the people around them.</summary>
    Kiln,

    /// <summary>Other people's ware.</summary>
    Others,

    /// <summary>This piece only.</summary>
    Self,

    /// <summary>Who eats or drinks from it.</summary>
    Use,
}

/// <summary>How well it goes, worst first.</summary>
public enum Verdict
{
    /// <summary>Must not be done.</summary>
    Incompatible,

    /// <summary>Cannot be told from what is known.</summary>
    Unknown,

    /// <summary>Can be done by somebody who knows of it.</summary>
    Caution,

    /// <summary>Nothing speaks against it.</summary>
    Compatible,
}

/// <summary>Whose yes a finding needs.</summary>
public enum Asks
{
    /// <summary>Nobody's: it is told, or it stops.</summary>
    Nobody,

    /// <summary>The member whose ware it is.</summary>
    Member,

    /// <summary>A technician's, with a reason.</summary>
    Technician,
}

/// <summary>What the findings mean for a booking.</summary>
public enum Gate
{
    /// <summary>Something is incompatible.</summary>
    Refused,

    /// <summary>Something asks the technician, who says yes with a reason.</summary>
    NeedsTechnician,

    /// <summary>Something asks the member, who accepts the rules that do.</summary>
    NeedsAccepts,

    /// <summary>Nobody is asked.</summary>
    Open,
}

/// <summary>One rule's word on a piece, a pair or the load.</summary>
/// <param name="Rule">The rule's name.</param>
/// <param name="Touches">Whom it touches.</param>
/// <param name="Verdict">How bad.</param>
/// <param name="Message">What happens and what to do.</param>
/// <param name="Values">The figures behind it, by name.</param>
/// <param name="Cures">Changes each of which removes it.</param>
/// <param name="Pieces">The pieces it speaks of; empty when it is the firing itself.</param>
public sealed record Finding(
    string Rule, Touches Touches, Verdict Verdict, string Message, IReadOnlyDictionary<string, object?> Values, IReadOnlyList<Cure> Cures,
    IReadOnlyList<string> Pieces)
{
    private readonly Asks? asks;

    /// <summary>
    /// Whose yes it needs. Where the rule does not say: what is unknown about kiln or others asks the technician, a caution the member, all else
    /// nobody.
    /// </summary>
    public Asks Asks
    {
        get => asks ?? (Verdict, Touches) switch
        {
            (Verdict.Unknown, Touches.Kiln or Touches.Others) => Asks.Technician,
            (Verdict.Caution, _) => Asks.Member,
            _ => Asks.Nobody,
        };
        init => asks = value;
    }

    /// <summary>The finding, told without asking anybody.</summary>
    internal Finding Told => this with { Asks = Asks.Nobody };
}
