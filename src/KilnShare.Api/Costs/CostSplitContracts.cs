using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Costs;

namespace KilnShare.Api.Costs;

/// <summary>One part of what a firing cost.</summary>
public sealed record CostPartContract
{
    /// <summary>What it is for.</summary>
    /// <example>energy</example>
    public required string Name { get; init; }

    /// <summary>Minor units; negative for a credit.</summary>
    /// <example>2750</example>
    public required long AmountMinor { get; init; }

    /// <summary>By what it is divided.</summary>
    /// <example>volume</example>
    public required CostBasis Basis { get; init; }

    /// <summary>The member who bears it, where the basis is direct.</summary>
    public string? To { get; init; }

    /// <summary>The energy metered for it, where the basis is kwh.</summary>
    public decimal? EnergyKwh { get; init; }
}

/// <summary>What one member's ware took of the firing. Three decimals at most.</summary>
public sealed record MemberUseContract
{
    /// <summary>The member.</summary>
    /// <example>a</example>
    public required string Id { get; init; }

    /// <summary>Number of pieces.</summary>
    /// <example>3</example>
    public long? Pieces { get; init; }

    /// <summary>Shelf area.</summary>
    /// <example>240</example>
    public decimal? FootprintCm2 { get; init; }

    /// <summary>Spacing envelopes: footprint grown by half the gap, times height plus headroom.</summary>
    /// <example>9600</example>
    public decimal? VolumeCm3 { get; init; }

    /// <summary>Mass.</summary>
    /// <example>2100</example>
    public decimal? MassG { get; init; }

    /// <summary>Heat that went into this ware alone.</summary>
    /// <example>2.314</example>
    public decimal? OwnHeatKwh { get; init; }

    /// <summary>The tallest piece on each level; 0 where there is none.</summary>
    public IReadOnlyList<decimal>? LevelHeightsMm { get; init; }
}

/// <summary>A cost to be divided.</summary>
public sealed record CostSplitQuestion
{
    /// <summary>ISO 4217 code.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>Varies from firing to firing, so that nobody pays the odd cent every time.</summary>
    public string TieSeed { get; init; } = "";

    /// <summary>What it cost; parts times members, 10,000 at most.</summary>
    public required IReadOnlyList<CostPartContract> Parts { get; init; }

    /// <summary>Who fired what; their order does not matter. Members times levels, 20,000 at most.</summary>
    public required IReadOnlyList<MemberUseContract> Members { get; init; }

    /// <summary>The least a member pays, minor units.</summary>
    public long MinimumMinor { get; init; }

    /// <summary>Who pays for empty room.</summary>
    /// <example>spread</example>
    public UnusedSpace UnusedSpace { get; init; }

    /// <summary>What the kiln holds; needed where the studio pays for empty room.</summary>
    public decimal? CapacityCm3 { get; init; }

    /// <summary>In Core's terms.</summary>
    public CostSplitRequest ToCore() => new(
        Core.Common.Currency.Parse(Currency)!.Value,
        [.. Parts.Select(p => new CostPart(p.Name, p.AmountMinor, p.Basis, p.To, p.EnergyKwh))],
        [.. Members.Select(m => new MemberUse(m.Id, m.Pieces, m.FootprintCm2, m.VolumeCm3, m.MassG, m.OwnHeatKwh, m.LevelHeightsMm))],
        TieSeed, MinimumMinor, UnusedSpace, CapacityCm3);
}

/// <summary>One party's part of one part of the cost.</summary>
public sealed record SharePartContract
{
    /// <summary>Name of the part.</summary>
    public required string Name { get; init; }

    /// <summary>Minor units.</summary>
    public required long AmountMinor { get; init; }
}

/// <summary>What one party bears.</summary>
public sealed record ShareContract
{
    /// <summary>The member; null for the studio.</summary>
    public required string? Id { get; init; }

    /// <summary>True for the studio, which bears the unused space.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool Studio { get; init; }

    /// <summary>Minor units, all parts together.</summary>
    public required long AmountMinor { get; init; }

    /// <summary>The parts it takes part in.</summary>
    public required IReadOnlyList<SharePartContract> Parts { get; init; }

    /// <summary>The contract of a share.</summary>
    public static ShareContract Of(Share share) => new()
    {
        Id = share.Id,
        Studio = share.Studio,
        AmountMinor = share.AmountMinor,
        Parts = [.. share.Parts.Select(p => new SharePartContract { Name = p.Name, AmountMinor = p.AmountMinor })],
    };
}

/// <summary>Something members should know about how a part was divided.</summary>
public sealed record SplitNoteContract
{
    /// <summary>Stable code.</summary>
    public required string Code { get; init; }

    /// <summary>Name of the part.</summary>
    public required string Part { get; init; }

    /// <summary>One sentence with the figures.</summary>
    public required string Message { get; init; }
}

/// <summary>A cost, divided: the shares add up to the total, part by part.</summary>
public sealed record CostSplitAnswerContract
{
    /// <summary>Who bears what.</summary>
    public required IReadOnlyList<ShareContract> Shares { get; init; }

    /// <summary>Minor units; null only where a studio does not show it to whoever reads.</summary>
    public required long? TotalMinor { get; init; }

    /// <summary>What members should know.</summary>
    public required IReadOnlyList<SplitNoteContract> Notes { get; init; }

    /// <summary>The contract of an answer.</summary>
    public static CostSplitAnswerContract Of(CostSplitAnswer answer, AmountsView view) => new()
    {
        Shares = [.. answer.Shares.Where(s => view.Shows(s.Id)).Select(ShareContract.Of)],
        TotalMinor = view.ShowsTotals ? answer.TotalMinor : null,
        Notes = view.ShowsTotals ? [.. answer.Notes.Select(n => new SplitNoteContract { Code = n.Code, Part = n.Part, Message = n.Message })] : [],
    };
}

internal sealed class CostSplitValidator : AbstractValidator<CostSplitQuestion>
{
    private const int LongestSeed = 200;

    public CostSplitValidator()
    {
        RuleFor(q => q.Currency).CurrencyCode();
        RuleFor(q => q.TieSeed).LineOrEmpty(LongestSeed);
        RuleFor(q => q.Parts).AtMost(CostLimits.MostParts);
        RuleFor(q => q.Members).AtMost(CostLimits.MostMembers);
        RuleFor(q => q.Parts).Must((q, parts) => (long)parts.Count * q.Members.Count <= CostLimits.MostShares).WithErrorCode("costs.too-many-shares")
            .WithMessage(q =>
                $"{q.Parts.Count} parts for {q.Members.Count} members are more than one calculation divides: times each other {CostLimits.MostShares} at "
                    + $"most. Ask in parts.");
        RuleFor(q => q.Members).Must(members => members.Sum(m => (long)(m.LevelHeightsMm?.Count ?? 0)) <= CostLimits.MostHeights)
            .WithErrorCode("costs.too-many-heights")
            .WithMessage($"The levels of all members together are more than {CostLimits.MostHeights}. Ask for fewer members or levels at a time.");
        RuleForEach(q => q.Parts).ChildRules(p => p.RuleFor(x => x.Name).Name());
        RuleForEach(q => q.Members).ChildRules(m => m.RuleFor(x => x.Id).Line(120));
    }
}
