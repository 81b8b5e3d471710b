namespace KilnShare.Core.Tests.CoFiring;

internal static partial class RuleCases
{
    private static IEnumerable<RuleCase> More => [];
}
