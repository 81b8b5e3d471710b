using System.Text.Json.Serialization;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Api.CoFiring;

/// <summary>A change that removes a finding; a second check of the changed load confirms it.</summary>
public sealed record CureContract
{
    /// <summary>What to change.</summary>
    public required CureChange Change { get; init; }

    /// <summary>The pieces it is done to; empty when it is done to the firing.</summary>
    public required IReadOnlyList<string> Pieces { get; init; }

    /// <summary>The cone to fire at.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Cone? Cone { get; init; }

    /// <summary>The kind of the other firing.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public FiringKind? Kind { get; init; }

    /// <summary>The atmosphere of the other firing.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Atmosphere? Atmosphere { get; init; }

    /// <summary>The series to read the firing by.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ConeSeries? Series { get; init; }

    /// <summary>Millimetres or hours, as the change says.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public decimal? Amount { get; init; }
}

/// <summary>One rule's word on a piece or between pieces.</summary>
public sealed record FindingContract
{
    /// <summary>The rule.</summary>
    /// <example>glaze-body-expansion</example>
    public required string Rule { get; init; }

    /// <summary>Whom it touches.</summary>
    /// <example>self</example>
    public required Touches Touches { get; init; }

    /// <summary>How bad it is.</summary>
    /// <example>caution</example>
    public required Verdict Verdict { get; init; }

    /// <summary>Whose yes it needs.</summary>
    /// <example>member</example>
    public required Asks Asks { get; init; }

    /// <summary>What happens, and what to do.</summary>
    public required string Message { get; init; }

    /// <summary>The figures behind it, by name.</summary>
    public required IReadOnlyDictionary<string, object?> Values { get; init; }

    /// <summary>Changes each of which removes it.</summary>
    public required IReadOnlyList<CureContract> Cures { get; init; }

    /// <summary>The pieces it speaks of; empty when it is the firing itself.</summary>
    public required IReadOnlyList<string> Pieces { get; init; }

    /// <summary>The contract of a finding.</summary>
    public static FindingContract Of(Finding finding) => new()
    {
        Rule = finding.Rule,
        Touches = finding.Touches,
        Verdict = finding.Verdict,
        Asks = finding.Asks,
        Message = finding.Message,
        Values = finding.Values,
        Cures = [.. finding.Cures.Select(c => new CureContract { Change = c.Change, Pieces = c.Pieces, Cone = c.Cone, Kind = c.Kind, Atmosphere = c.Atmosphere,
            Series = c.Series, Amount = c.Amount })],
        Pieces = finding.Pieces,
    };
}
