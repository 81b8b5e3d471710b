using FluentValidation;
using FluentValidation.Validators;

namespace KilnShare.Api.Common;

/// <summary>What a field takes, so far as a schema can say it; null where it does not say.</summary>
public sealed record FieldLimit
{
    /// <summary>Least number.</summary>
    public decimal? Least { get; init; }

    /// <summary>Greatest number.</summary>
    public decimal? Most { get; init; }

    /// <summary>Most decimals.</summary>
    public int? Decimals { get; init; }

    /// <summary>Fewest characters.</summary>
    public int? Shortest { get; init; }

    /// <summary>Most characters.</summary>
    public int? Longest { get; init; }

    /// <summary>Most entries of a list.</summary>
    public int? MostItems { get; init; }

    /// <summary>A regular expression (ECMA-262) that the text matches.</summary>
    public string? Pattern { get; init; }
}

/// <summary>A rule that can say what it takes.</summary>
public interface ILimitRule
{
    /// <summary>What it takes.</summary>
    FieldLimit Limit { get; }
}

/// <summary>A rule with the limit it checks, for the document to show.</summary>
internal sealed class LimitRule<T, TProperty>(FieldLimit limit, Func<TProperty, bool> takes, string message) : PropertyValidator<T, TProperty>, ILimitRule
{
    /// <inheritdoc/>
    public FieldLimit Limit { get; } = limit;

    /// <inheritdoc/>
    public override string Name => "Limit";

    /// <inheritdoc/>
    public override bool IsValid(ValidationContext<T> context, TProperty value) => takes(value);

    /// <inheritdoc/>
    protected override string GetDefaultMessageTemplate(string errorCode) => message.Replace("{", "{{", StringComparison.Ordinal);
}
